"""A show as a sequence of firing events: who switches when, what state igniters are in, what then
happens."""
