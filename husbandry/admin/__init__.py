"""The back office of husbandry: everything on record, and the few things changed here.

`Reading` and `Conditions` have keys of several columns, which Django's admin cannot
register; they are looked at as charts on the pages of a finding and of an animal.
"""

from husbandry.admin import agreements, animals, places, profiles, reviews

__all__ = ["agreements", "animals", "places", "profiles", "reviews"]
