# Faults of pricing.

pricing-adjustment-whole = An adjustment of -{ $taken_off } takes more off than the calculated price of { $most }.
    .fix = Take off less.
pricing-margin-whole = a margin of 100% leaves nothing for the cost.
    .fix = Write margin = 0.30 for 30% of the price.
