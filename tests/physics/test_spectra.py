"""Weights and integrals of spectra, against standards and two independent libraries."""

import numpy as np
import pytest

from sunfleck.errors import DomainError
from sunfleck.physics import spectra


@pytest.mark.parametrize(
    ("wavelength", "weight"),
    [
        (250, 1), (298, 1), (299, 0.805378), (300, 0.648634), (302, 0.420727), (305, 0.219786), (308, 0.114815),
        (310, 7.44732e-2), (313, 3.89045e-2), (315, 2.52348e-2), (320, 8.55067e-3), (325, 2.89734e-3),
        (328, 1.513561e-3), (330, 1.412538e-3), (340, 1.000000e-3), (350, 7.07946e-4), (360, 5.01187e-4),
        (365, 4.21697e-4), (380, 2.51189e-4), (400, 1.258925e-4), (249.9, 0), (400.1, 0),
    ],
)  # fmt: skip
def test_erythema_weight_is_the_standards(wavelength, weight):
    """ISO/CIE 17166 (the form with 140), spot values computed from it: half a unit of six printed digits."""
    assert spectra.erythema_weight(wavelength) == pytest.approx(weight, rel=5e-6)


def test_erythema_weight_is_continuous():
    """The form with 140 joins at 328 nm; the older one with 139 jumps by 3.4 %."""
    below, above = spectra.erythema_weight([328.0, 328.0 + 1e-9])
    assert above == pytest.approx(below, rel=1e-6)


@pytest.mark.parametrize(
    ("wavelength", "irradiance", "index"),
    [(298, 0.025, 1.000), (300, 0.010, 0.259454), (313, 0.010, 0.0155618), (365, 1.0, 0.0168679)],
)
def test_uv_index_of_one_wavelength(wavelength, irradiance, index):
    """UVI = 40 m2/W x E x s (WHO 2002): a triangle of 2e-3 nm carries the whole irradiance."""
    width = 1e-3
    w = [wavelength - width, wavelength, wavelength + width]
    assert spectra.uv_index(w, [0, irradiance / width, 0]) == pytest.approx(index, rel=4e-6)


def test_uv_index_of_the_published_example():
    """WHO guide's arithmetic, as a university page works it: 0.2 W m-2 erythemal is UVI 8.0."""
    erythemal = 0.2
    assert erythemal * spectra.UV_INDEX_PER_ERYTHEMAL == pytest.approx(8.0)


@pytest.fixture(scope="module")
def reference_sun():
    """ASTM G173-03 AM1.5 spectra as pvlib carries them."""
    return pytest.importorskip("pvlib").spectrum.get_reference_spectra(standard="ASTM G173-03")


@pytest.mark.parametrize(
    ("component", "index", "photons", "lux"),
    [("global", 3.690, 1977.87, 109495.0), ("direct", 2.068, 1735.2, 97142.0)],
)
def test_reference_sun(reference_sun, component, index, photons, lux):
    """ASTM G173-03: UV index, PPFD and illuminance recomputed elsewhere on the native grid.

    V(lambda) interpolated from 5 nm is good for 2e-5 of the illuminance; the rest are the printed digits.
    """
    w, e = reference_sun.index.to_numpy(float), reference_sun[component].to_numpy(float)
    assert spectra.uv_index(w, e) == pytest.approx(index, abs=5e-4)
    assert spectra.photon_flux_density(w, e) == pytest.approx(photons, rel=3e-5)
    assert spectra.illuminance(w, e) == pytest.approx(lux, rel=2e-5)


def test_photopic_weight_against_colour_science():
    """CIE 1924 V(lambda) at every nanometre, as colour-science tabulates it: 2.2e-4 from our 5 nm table."""
    from colour.colorimetry import SDS_LEFS_PHOTOPIC

    table = SDS_LEFS_PHOTOPIC["CIE 1924 Photopic Standard Observer"]
    w, v = np.asarray(table.wavelengths), np.asarray(table.values)
    inside = (w >= 380) & (w <= 780)
    assert spectra.photopic_weight(w[inside]) == pytest.approx(v[inside], abs=2.2e-4)
    on_table = inside & (w % 5 == 0)
    assert spectra.photopic_weight(w[on_table]) == pytest.approx(v[on_table], abs=1e-12)
    assert v[~inside].sum() < 5e-6 * v.sum()


@pytest.mark.parametrize(
    ("illuminant", "ratio"),
    [("D65", 55.50), ("D50", 56.20), ("A", 50.26), ("FL2", 76.48), ("FL11", 76.04), ("HP1", 85.84),
     ("LED-B3", 69.75), ("LED-B5", 69.40)],
)  # fmt: skip
def test_lux_per_micromole_of_cie_illuminants(illuminant, ratio):
    """Ratios in lx per umol m-2 s-1 with spectra of colour-science, recomputed elsewhere at 1 nm; 0.1 % for its grid."""
    from colour import SDS_ILLUMINANTS, SpectralShape

    table = SDS_ILLUMINANTS[illuminant].copy().align(SpectralShape(380, 780, 1))
    w, e = np.asarray(table.wavelengths), np.asarray(table.values)
    found = spectra.illuminance(w, e) / spectra.photon_flux_density(w, e)
    assert found == pytest.approx(ratio, rel=1e-3)


@pytest.mark.parametrize(("wavelength", "photons"), [(450, 3.76171), (555, 4.63944), (660, 5.51717)])
def test_photons_per_joule(wavelength, photons):
    """Wavelength over (h c N_A) with the constants of 2019."""
    assert spectra.photons_per_joule(wavelength) == pytest.approx(photons, rel=2e-6)


def test_lux_of_green_photons():
    """At 555 nm one umol m-2 s-1 is 147.216 lx."""
    ratio = spectra.LUMINOUS_EFFICACY * spectra.photopic_weight(555.0) / spectra.photons_per_joule(555.0)
    assert ratio == pytest.approx(147.216, rel=4e-6)


def test_photon_band_is_cut_at_its_limits():
    """Light outside 400 to 700 nm does not count, and the band's edge may fall between two wavelengths."""
    coarse = spectra.photon_flux_density([395.0, 705.0], [1.0, 1.0])
    fine = spectra.photon_flux_density(np.linspace(300, 900, 6001), np.ones(6001))
    assert coarse == pytest.approx(fine, rel=1e-9)
    assert spectra.photon_flux_density([300.0, 390.0], [1.0, 1.0]) == 0.0
    assert spectra.uv_index([405.0, 500.0], [1.0, 1.0]) == 0.0


def test_a_spectrum_that_begins_inside_the_band_counts_only_what_is_there():
    """Nothing is drawn up from zero at the band's edge: 1 W m-2 nm-1 from 500 to 600 nm is 100 W m-2."""
    w = np.array([500.0, 550.0, 600.0])
    expected = 100.0 * spectra.photons_per_joule(550.0)
    assert spectra.photon_flux_density(w, np.ones(3)) == pytest.approx(expected, rel=1e-12)


def test_daily_light_integral():
    """100 umol for 12 h is 4.32 mol; 12 mol need 277.8 umol for 12 h."""
    assert spectra.daily_light_integral([100.0, 277.8], 12 * 3600.0) == pytest.approx([4.32, 12.0], rel=1e-4)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: spectra.erythema_weight([300.0, -1.0]), "wavelength must be above zero; got -1 nm"),
        (lambda: spectra.uv_index([300.0], [1.0]), r"two or more wavelengths .* got \(1,\) and \(1,\)"),
        (lambda: spectra.uv_index([300.0, 301.0], [1.0]), r"as many values; got \(2,\) and \(1,\)"),
        (lambda: spectra.illuminance([301.0, 300.0], [1, 1]), "wavelengths must rise; got a step of -1 nm"),
        (lambda: spectra.daily_light_integral(-1.0, 5.0), "density must be zero or more; got -1 umol m-2 s-1"),
        (lambda: spectra.daily_light_integral(1.0, -5.0), "duration must be zero or more; got -5 s"),
    ],
)  # fmt: skip
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, what came, and the unit."""
    with pytest.raises(DomainError, match=message):
        call()
