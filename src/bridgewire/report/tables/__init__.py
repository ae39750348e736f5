"""A report as tables of plain values, for notebooks, spreadsheets and data frames."""
