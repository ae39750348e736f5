"""From meter readings and labels to a kit profile: arithmetic, interview, checks, comparison."""
