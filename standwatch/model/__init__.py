"""The facts and the words: what people saw and did, and what things are called. No I/O, no clock, no numpy."""
