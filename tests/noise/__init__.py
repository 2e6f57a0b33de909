"""Noise: texts that nobody would write, and what must hold whatever the text.

``python -m tests.noise --inputs 200000 --seed 1 --jobs 2`` runs many by hand; ``test_noise.py`` a few thousand.
"""
