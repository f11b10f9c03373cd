"""The pages of docs/ and the README: what they tell to type is typed, and what they show is what comes."""
