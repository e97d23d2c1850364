# What the crew's hours are spent on, and the steps of the calendar. An id ends in the shop's figure or the step's name.

activity-template = Template
activity-travel-template = Travel to template
activity-travel-site = Travel to install
activity-form = Build forms
activity-form-edge = Set form edges
activity-form-cutout = Set sink knock-outs
activity-form-hole = Set hole knock-outs
activity-sample = Make samples
activity-pour-setup = Set up to pour
activity-batch = Mix
activity-batch-cleanup = Clean up
activity-place-face = Place face coat
activity-place-back = Place backer
activity-strip-melamine = Strip board forms, crew of { $crew }
activity-strip-rubber = Strip rubber molds, crew of { $crew }
activity-strip-glass-fibre = Strip fiberglass molds, crew of { $crew }
activity-flip = Flip, crew of { $crew }
activity-hone = Slurry and hone
activity-seal = Seal
activity-crate = Crate
activity-install = Set up on site
activity-install-light = Set light pieces
activity-install-medium = Set medium pieces
activity-install-heavy = Set heavy pieces

step-template = Template
step-build-forms = Build forms
step-pour = Pour
step-strip = Strip
step-slurry-and-hone = Slurry and hone
step-seal = Seal
step-sealer-cures = Sealer cures
step-held-by-change-orders = On hold for change orders
step-crate = Crate
step-ship = Ship
step-install = Install
