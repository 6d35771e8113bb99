"""What holds for every test: property tests that try the same examples each time."""

from hypothesis import HealthCheck, settings

settings.register_profile(
    "repeatable",
    derandomize=True,
    deadline=None,
    max_examples=60,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
settings.register_profile("thorough", settings.get_profile("repeatable"), max_examples=1000)
settings.load_profile("repeatable")
