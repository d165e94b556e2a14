"""The JSON API: thin routers that translate, call one use case and answer."""
