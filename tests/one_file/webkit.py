"""WebKit, Safari's engine, as Debian's small browser of it on a screen without glass."""

import os
import shutil
import subprocess
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path


def missing():
    """What is not installed that this browser needs; empty where it can be started."""
    found = {
        "selenium": find_spec("selenium"),
        "webkit2gtk-driver": shutil.which("WebKitWebDriver") and _browser(),
        "xvfb": shutil.which("Xvfb"),
    }
    return ", ".join(name for name, there in found.items() if not there)


def _browser():
    return next(Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser"), None)


@contextmanager
def webkit(home):
    """A driver of the browser with ``home`` for what it stores; both end with it."""
    from selenium import webdriver

    read, write = os.pipe()
    command = [shutil.which("Xvfb"), "-displayfd", str(write), "-nolisten", "tcp"]
    screen = subprocess.Popen(
        [*command, "-screen", "0", "1366x900x24"],
        pass_fds=(write,),
        stderr=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
    )
    os.close(write)
    driver = None
    try:
        with os.fdopen(read) as said:
            display = f":{said.readline().strip()}"
        names = ("HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME")
        env = {
            **os.environ,
            **{name: str(home / name.lower()) for name in names},
            "DISPLAY": display,
            "WEBKIT_DISABLE_COMPOSITING_MODE": "1",
            "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1",
            "LIBGL_ALWAYS_SOFTWARE": "1",
        }
        options = webdriver.WebKitGTKOptions()
        options.binary_location = str(_browser())
        options.add_argument("--automation")
        service = webdriver.webkitgtk.service.Service(
            executable_path=shutil.which("WebKitWebDriver"), env=env
        )
        driver = webdriver.WebKitGTK(options=options, service=service)
        yield driver
    finally:
        if driver is not None:
            driver.quit()
        screen.terminate()
        screen.wait()
