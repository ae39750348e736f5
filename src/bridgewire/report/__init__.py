"""Writers of reports: one file per output, plain functions from results to text or data."""
