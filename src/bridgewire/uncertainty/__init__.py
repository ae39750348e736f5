"""How sure the answers are: scatter of every value, probabilities, what is worth measuring."""
