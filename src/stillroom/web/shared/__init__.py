"""What pages share: doors, form fields, errors, middleware."""
