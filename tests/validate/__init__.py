"""Tests of the stage that holds orders at the door."""
