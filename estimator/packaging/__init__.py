"""What to buy: whole packs, pallets and freight, consumables, forms, and what is left on the shelf.

order        the cheapest whole packs of one material
offers       packs with the freight of their own line
coupled      the same for many materials that freight, a lift-gate or a supplier's minimum ties together
pallets      what the packs stand on, and whether the workshop can move it
freight      what it costs to have them brought
shelf        what is left over, and until when it keeps
consumables  needs by area, length and piece
forms        how many forms, how often renewed, which boards
"""
