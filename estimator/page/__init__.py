"""The shop page: a web page for the same engine, served from the shop's own computer."""
