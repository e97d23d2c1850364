# Plots of mixes, coupons and curing.

plot-format = Can't write "{ $name }".
    .fix = Use a name ending in .svg.
plot-unpriced = No mix here has sand, beads and all its prices.
    .fix = Name a mix such as backer-45.
plot-nothing-to-swap = No mix here has sand and beads to swap.
    .fix = Name a mix such as backer-45.
plot-no-first-crack = No coupon has a first crack to plot.
    .fix = Record the limit load of the coupons.
plot-mix = { $mix }, { $swapped_share } of the sand replaced
plot-age = age, days
plot-first-crack = first-crack strength, { $unit }
plot-design-value = bar: design value
plot-hours = hours after placing
