"""All mutations: each of these modules adds its own to `breaking.MUTATIONS`."""

from . import airing as airing
from . import cutting as cutting
from . import hanging as hanging
from . import lasting as lasting
from . import meeting as meeting
from . import nailing as nailing
from . import slots as slots
from . import standing as standing
