"""The papers that leave the office, one module a paper: a function of the estimate and its document, to bytes."""
