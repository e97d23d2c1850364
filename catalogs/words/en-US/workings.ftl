# Workings: how each figure came about.

workings-paper = Workings
workings-note = Values are in SI units and unrounded, results also in the units of the job. + − · / ^ as on a calculator. round2 rounds to two decimals, half up.
workings-price = Price and cost
workings-weights = Weights
workings-orders = Material orders
workings-forms = Forms
workings-lifting = Lifting and trucking
workings-mixes = Mixes
workings-curing = Curing
workings-schedule = Schedule
workings-sizes = Areas and volumes
workings-throughout = In every line: { $values }
workings-of = For
workings-values = Values
workings-result = Result
workings-source = Source
