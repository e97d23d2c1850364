# Faults of picks, anchors, loads and access: what was entered, what is allowed, what to type.

load-over-payload = weighs { $load_kg }, and the payload is { $payload_kg }.
    .fix = Use a larger truck.
