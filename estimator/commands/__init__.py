"""One module a command: reads what it is given, calls the stages, writes what they return."""
