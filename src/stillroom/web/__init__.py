"""The web application: one folder a page, each with its view, form, context and template."""
