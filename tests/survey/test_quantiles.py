"""Our quantiles against a general-purpose library (scipy.special), over the range that is used."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import betaincinv, nctdtrit, ndtri

from finishplan.survey.quantiles import beta_quantile, noncentral_t_quantile, normal_quantile, normal_quantiles


@given(st.floats(min_value=0.001, max_value=0.999))
def test_normal(share: float) -> None:
    assert normal_quantile(share) == pytest.approx(float(ndtri(share)), abs=1e-11)


@settings(deadline=None, max_examples=150)
@given(
    st.integers(min_value=1, max_value=150),
    st.sampled_from([0.0, 0.5, 1.0, 4.0, 20.0]),
    st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99]),
    st.sampled_from([0.01, 0.05, 0.5, 0.8, 0.9, 0.95, 0.99]),
)
def test_noncentral_t(n: int, worth: float, coverage: float, confidence: float) -> None:
    nu = worth + n - 1
    if nu < 0.5:
        return
    delta = float(ndtri(coverage)) * n**0.5
    ours = noncentral_t_quantile(confidence, nu, delta)
    assert ours == pytest.approx(float(nctdtrit(nu, delta, confidence)), rel=2e-9)


@settings(deadline=None)
@given(st.floats(min_value=0.0, max_value=1.0), st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99]))
def test_beta_as_pert_uses_it(likely: float, share: float) -> None:
    a, b = 1.0 + 4.0 * likely, 1.0 + 4.0 * (1.0 - likely)
    assert beta_quantile(share, a, b) == pytest.approx(float(betaincinv(a, b, share)), abs=1e-11)


def test_normal_for_simulation() -> None:
    share = np.concatenate([np.linspace(0.0, 1.0, 20_001), np.logspace(-300, -2, 2_000)])
    ours, theirs = normal_quantiles(share), ndtri(share)
    finite = np.isfinite(theirs)
    assert (ours[~finite] == theirs[~finite]).all()
    assert np.abs(ours[finite] - theirs[finite]).max() < 1e-7
    near = finite & (np.abs(theirs) > 0.01)
    assert np.abs(ours[near] / theirs[near] - 1.0).max() < 2e-9
