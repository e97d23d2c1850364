"""What to buy: whole packs, pallets and freight, consumables, forms, and what is left in stock.

price        price of a line of packs: tiers, breaks, full pallets
freight      pallets and what delivery costs
order        the cheapest whole packs of one need
ways         the ways of buying one need at given shadow prices
program      one order of all needs as an integer program
bounds       bounds need by need, by which most of that program is settled before it is solved
together     the cheapest order of all needs, which freight and suppliers' minimums tie together
materials    what the mixes take, and what is left of it
consumables  needs by area, length and piece
forms        how many forms, how often renewed, which boards
stage        all of it for a job
"""
