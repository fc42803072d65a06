"""USDA FoodData Central, CSV downloads, as four datasets, each a module with the contract of an importer.

    foundation  fdc-foundation  analysed foods; releases of 2019 need the supporting-data download beside them
    sr_legacy   fdc-sr-legacy   the last Standard Reference
    survey      fdc-survey      foods of the dietary survey
    branded     fdc-branded     packaged products, millions: `read_chunks` gives them in parts of bounded size
"""
