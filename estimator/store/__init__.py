"""The shop's store: records, people, links and acceptances in a database.

A folder gets a store, `.shop.db`, when the shop page is first opened on it. Commands that read or write records of a
job use it. The content of job files is never taken from it: the file is the source of truth.
"""

from estimator.store.database import Store, open_store, store_of

__all__ = ["Store", "open_store", "store_of"]
