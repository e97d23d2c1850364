"""How a piece is lifted, carried, hung and brought in: kernels of plain SI floats, one module a question."""
