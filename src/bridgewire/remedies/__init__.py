"""Changes to a show that would clear a finding, solved for and costed."""
