"""What holds for the code as a whole."""
