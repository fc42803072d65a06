"""The names of the store's tables, apart from their models: a start reads the store without building any model."""

TABLES = (
    "dataset_release", "component", "food_group", "food", "household_measure", "component_value", "source_text",
    "derivation_text", "langual_term", "food_langual", "footnote", "kitchen_document", "kitchen_use", "kitchen_release",
    "kitchen_request", "api_key", "release_activation", "answering_release",
)  # fmt: skip
