"""Of a design that was made once."""

from tests.support.once import _designed_once as _designed_once
