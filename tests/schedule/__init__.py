"""Tests of the press schedule: the stage, the scheduler, and what others have published."""
