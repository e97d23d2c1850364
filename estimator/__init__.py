"""Estimate a job of lightweight cast pieces: volumes, mix, order, price, weight and handling."""
