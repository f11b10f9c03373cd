"""The rate engine against what it must reach, on a simulated stand with known truth: `python -m tests.bench.engine`."""
