import numpy as np
import pytest
from scipy import sparse

from pipeline.learning.mixed.columns import Columns, Prior, indicator, scaled_rows


def test_a_label_not_in_the_vocabulary_goes_last_and_none_goes_nowhere():
    found = indicator(["plum", None, "sloe", "kiwi"], ["plum", "sloe"]).toarray()
    assert found.tolist() == [[1, 0, 0], [0, 0, 0], [0, 1, 0], [0, 0, 1]]


def test_columns_of_one_group_share_its_prior_and_free_ones_have_none():
    columns = Columns(3)
    columns.line("free", np.arange(3.0))
    columns.line("rackings", np.ones(3), Prior(0.02, 0.5), "losses", scale=2.0)
    columns.line("bottling", np.ones(3), Prior(0.02, 0.5), "losses")
    columns.levels("fruit", ["plum", "plum", "sloe"], ["plum", "sloe"], Prior(0.1))
    losses, fruit = columns.grouped()
    assert (losses.name, losses.columns, losses.sd, losses.doubt) == ("losses", (1, 2), 0.02, 0.5)
    assert (fruit.name, fruit.columns) == ("fruit", (3, 4, 5))
    assert columns.names[3:5] == ["fruit:plum", "fruit:sloe"]
    assert columns.matrix().toarray()[:, 1] == pytest.approx(0.5)


@pytest.mark.parametrize("kind", [np.asarray, sparse.csr_array])
def test_rows_are_scaled_each_by_its_own_number(kind):
    found = scaled_rows(kind(np.ones((2, 2))), np.array([2.0, 3.0]))
    dense = found.toarray() if sparse.issparse(found) else found
    assert dense.tolist() == [[2, 2], [3, 3]]
