# Faults of picks, anchors, loads and access: what was entered, what is allowed, what to type.

load-over-payload = weighs { $load_kg }, and the payload is { $payload_kg }.
    .fix = Use a larger truck.

site-order-unknown = names { $mark }, and the job has no piece of that mark.
    .fix = Write the marks of the job.
site-order-twice = names { $mark } twice.
    .fix = Name each mark once.
