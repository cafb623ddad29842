"""What a workshop sets up for its programs: access keys, and whom to tell that a plan ended."""
