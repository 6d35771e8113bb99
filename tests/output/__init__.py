"""What a run leaves on the disk: papers and its record."""
