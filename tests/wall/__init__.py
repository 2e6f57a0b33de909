"""Tests of the wall's geometry."""
