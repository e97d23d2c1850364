basis-mass = kilogram for kilogram (mass)
