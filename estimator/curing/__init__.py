"""How a piece hardens: heat, maturity, water lost before it is covered, and the plan that follows from them."""
