"""One module per page; each offers its routes."""
