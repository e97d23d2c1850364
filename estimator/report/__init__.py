"""The back: the finished estimate on a terminal, on paper and in files. Reads the Estimate, computes nothing new."""
