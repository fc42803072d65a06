"""The routes of the API, one module a resource."""
