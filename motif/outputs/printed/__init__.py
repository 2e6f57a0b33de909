"""Printed sheets at true size: what a potter holds against the clay, as one PDF.

Text flows one way here too: **piece → parts → pages → PDF**. A part (``strips``, ``disc``, ``flat``,
``outlines``) is drawn once, on a sketch of its own in millimetres; ``packing`` and ``tiles`` lay parts on
pages of paper; ``pdf`` writes the pages.
"""
