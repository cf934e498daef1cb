"""Humidity over salts, held against tables and papers."""

from typing import get_args

import numpy as np
import pytest

from sunfleck.errors import DomainError
from sunfleck.physics.salt_points import SALTS, UNCERTAINTY, equilibrium_humidity, salt_correction
from sunfleck.plan.surveys import Salt

# CRC Handbook (Wexler), worked out at 25 degC apart from this program. [%]
AT_25 = {
    "lithium chloride": 11.30,
    "magnesium chloride": 32.79,
    "magnesium nitrate": 52.87,
    "sodium chloride": 75.25,
    "potassium chloride": 84.17,
    "potassium nitrate": 91.92,
    "potassium sulfate": 97.23,
}
# Wexler & Hasegawa 1954, J. Res. NBS 53:19-26 (RP2512), abstract: over sodium chloride, by temperature. [degC, %]
OVER_TABLE_SALT = [(0.0, 74.9), (30.0, 75.6), (50.0, 74.7)]
# Greenspan 1977, J. Res. NBS 81A:89-96, at 25 degC; values from memory. [%]
GREENSPAN = {"lithium chloride": 11.30, "magnesium chloride": 32.78, "magnesium nitrate": 52.89,
             "sodium chloride": 75.29, "potassium chloride": 84.34, "potassium sulfate": 97.30}  # fmt: skip


@pytest.mark.parametrize("salt", AT_25)
def test_the_table_at_25_degrees(salt):
    """To the last digit of the reference."""
    assert 100 * equilibrium_humidity(salt, 298.15) == pytest.approx(AT_25[salt], abs=0.006)


@pytest.mark.parametrize(("celsius", "percent"), OVER_TABLE_SALT)
def test_measured_over_table_salt(celsius, percent):
    """Within the 2 % that the table states for itself."""
    assert 100 * equilibrium_humidity("sodium chloride", celsius + 273.15) == pytest.approx(
        percent, rel=UNCERTAINTY
    )


@pytest.mark.parametrize("salt", GREENSPAN)
def test_another_compilation_agrees(salt):
    """Within 0.3 % of humidity; its values are from memory, so that they hold nothing by themselves."""
    assert 100 * equilibrium_humidity(salt, 298.15) == pytest.approx(GREENSPAN[salt], rel=0.003)


def test_a_correction_is_what_is_missing():
    """Reading and correction add up to what stands over the salt, at every temperature."""
    kelvin = np.linspace(273.15, 323.15, 11)
    corrected = 0.7 + salt_correction("sodium chloride", kelvin, 0.7)
    np.testing.assert_allclose(corrected, equilibrium_humidity("sodium chloride", kelvin), rtol=1e-14)


@pytest.mark.parametrize(
    "arguments", [("sugar", 298.0, 0.7), ("sodium chloride", 260.0, 0.7), ("sodium chloride", 298.0, 78.0),
                  ("sodium chloride", float("nan"), 0.7), ("sodium chloride", 298.0, float("nan"))]
)  # fmt: skip
def test_what_means_nothing_is_refused(arguments):
    """A percentage in the place of a share, a freezer, another powder."""
    with pytest.raises(DomainError):
        salt_correction(*arguments)


def test_the_survey_knows_the_same_salts():
    """What a survey may name is what the table has."""
    assert set(get_args(Salt)) == set(SALTS)
