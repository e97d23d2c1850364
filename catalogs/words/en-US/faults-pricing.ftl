# Faults of pricing.

pricing-adjustment-whole = An adjustment of -{ $taken_off } takes more off than the calculated price of { $most }.
    .fix = Take off less.
