"""From numbers to verdicts: requirements, standing, the one next step, who first."""
