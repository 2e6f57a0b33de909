"""Parse tree → syntax nodes, one function a rule of the grammar, a module a part of it.

Trees and tokens carry offsets into the text as written, so every node's span does too.
"""
