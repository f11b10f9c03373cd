"""The use cases that both faces call: record, correct, undo, assess the stand, release."""
