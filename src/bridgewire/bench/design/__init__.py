"""Which trial next: what each would tell about a question, for the igniters that it takes."""
