"""Purchasing: whole packs, pallets and freight, consumables, forms, and leftover stock.

price        price of a line of packs: tiers, breaks, full pallets
freight      pallets and the cost of delivery
order        the cheapest whole packs for one need
ways         the ways to buy one need at given shadow prices
program      one order of all needs as an integer program
bounds       bounds for each need, which settle most of that program before it is solved
together     the cheapest order of all needs, coupled by freight and suppliers' minimums
materials    materials of the mixes, and leftovers
consumables  needs by area, length and piece
forms        number of forms, renewals, boards
stage        the whole packaging stage of a job
"""
