"""Tests of peelwright: mirrors of the source, and what holds for the whole."""

import tests.closed_network  # noqa: F401 (closes it)
