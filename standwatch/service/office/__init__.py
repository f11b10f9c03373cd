"""What stands behind the assessor: facts as read and kept, who is done with, what was learned, what all share."""
