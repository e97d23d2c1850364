# Faults of pricing.

pricing-margin-whole = a margin of 100% leaves nothing for the cost.
    .fix = Write margin = 0.30 for 30% of the price.
