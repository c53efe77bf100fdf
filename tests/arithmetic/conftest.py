from hypothesis import settings

# How long a busy machine takes says nothing about a sum.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
