"""The shop page: the same engine behind a page that runs on the shop's own computer."""
