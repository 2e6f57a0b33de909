"""How exact the wall and all that is laid on it are, against sources outside the project.

``python -m tests.accuracy`` prints the largest differences as a Markdown table, ``python -m tests.accuracy gores``
how the misfit of paper gores falls with their number; ``test_accuracy.py`` holds every difference to its bound."""
