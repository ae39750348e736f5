"""Finding kit profiles: the files in the folders that a show looks through."""
