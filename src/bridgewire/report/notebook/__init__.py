"""What a notebook shows of a report or a table: plain HTML that takes the notebook's colours."""
