"""The trade data library: metals, fillers, fluxes, furnaces, cautions and practice, each with its source.

`library.Library` finds and loads them; `records` says what they hold, in SI; `properties.Table` is a
property against temperature; `formulas` are the published formulas a table may stand for; `reference` holds
what belongs to no single metal (air, clearances, soak rules, cautions); `show` prints them. The data are the
TOML files under `data/`, one per metal, filler, flux and furnace; a user's folder of the same layout is read
as well. `files` turns a file into a record, `quantities` its numbers into SI; `fields` names every fault.
"""
