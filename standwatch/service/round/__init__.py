"""The round: which clock next, what is asked, a press and a figure as a reading, and what follows a surprise."""
