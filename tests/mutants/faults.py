"""The small faults that tests have to notice: where each is planted, what it changes, and the tests that guard it.

Knows nothing of how they are run. A fault that survives for a good reason says which.
"""

from .fault import Fault
from .in_python import IN_PYTHON
from .in_the_numbers import IN_THE_NUMBERS
from .on_the_phone import ON_THE_PHONE

FAULTS: tuple[Fault, ...] = (*IN_PYTHON, *IN_THE_NUMBERS, *ON_THE_PHONE)
