"""Enter many readings from several threads, for a process of its own: `python -m oracles.entering SURVEY WHO`."""

import sys
import threading
from pathlib import Path

from sunfleck.service.surveys import add_readings

THREADS, EACH = 2, 25


def enter_many(survey, who):
    """Two threads, each entering one reading after the other."""

    def enter(thread):
        for number in range(EACH):
            note = f"{who}.{thread}.{number}"
            add_readings(survey, [{"at": "1", "uvi": "2.4", "with": "club meter", "note": note}])

    threads = [threading.Thread(target=enter, args=(thread,)) for thread in range(THREADS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


if __name__ == "__main__":
    enter_many(Path(sys.argv[1]), sys.argv[2])
