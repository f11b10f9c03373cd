"""Numbers with their doubt, worked out from the History of one clock. Pure; time is passed in."""
