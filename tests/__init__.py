"""Tests of peelwright: mirrors of the source, and what holds for the whole."""
