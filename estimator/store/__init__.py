"""The shop's store: records, people, links and acceptances in a database.

A folder has a store once the shop page was opened on it: `.shop.db` in the folder. The commands that write or read
records of a job find it there. What a job file says is never kept here: the file stays the truth.
"""

from estimator.store.database import Store, open_store, store_of

__all__ = ["Store", "open_store", "store_of"]
