"""What is due while the program is open: worked out at start, never stored."""
