"""Schedule: orders, sheets -> the work to press -> who presses what, on which press, when."""
