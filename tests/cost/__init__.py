"""Tests of costs, prices and bills."""
