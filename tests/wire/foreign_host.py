"""A host that isn't ours: Debian's Python bindings of the camera library take two pictures with a simulated body.

Told by its environment where the bodies are. Prints what it saw, one word or path a line; the test compares it with what
the body really did."""

import sys
import time

import gphoto2 as gp

PATIENCE_S = 30


def settings_of(family):
    return {
        "generic": {"shutterspeed": "0.0020s", "f-number": "f/8", "iso": "400"},
        "a": {"capturetarget": "Memory card", "shutterspeed2": "1/500", "f-number": "f/8", "iso": "400"},
        "sony": {"shutterspeed": "1/500", "f-number": "f/8", "iso": "400"},
        "fuji": {"shutterspeed": "1/500", "f-number": "f/8", "iso": "400"},
        "panasonic": {"capturetarget": "Memory card", "shutterspeed": "1/500", "f-number": "8", "iso": "400"},
        "olympus": {"shutterspeed": "1/500", "aperture": "8.0", "iso": "400"},
        "b": {"capturetarget": "Memory card", "shutterspeed": "1/500", "aperture": "8", "iso": "400"},
    }[family]


def apply(camera, name, value):
    widget = camera.get_single_config(name)
    widget.set_value(value)
    camera.set_single_config(name, widget)
    give_up = time.monotonic() + PATIENCE_S
    while camera.get_single_config(name).get_value() != value and time.monotonic() < give_up:
        camera.wait_for_event(5)


def release(camera):
    # By operations where the library has no trigger for the family.
    strokes = {"panasonic": ["0x9404,0x3000011"], "olympus": ["0x9481,0x3", "0x9481,0x6"]}.get(sys.argv[1])
    if strokes is None:
        return camera.trigger_capture()
    for stroke in strokes:
        widget = camera.get_single_config("opcode")
        widget.set_value(stroke)
        camera.set_single_config("opcode", widget)


def trigger_when_free(camera):
    give_up = time.monotonic() + PATIENCE_S
    while True:
        try:
            return release(camera)
        except gp.GPhoto2Error as error:
            if error.code != gp.GP_ERROR_CAMERA_BUSY or time.monotonic() > give_up:
                raise
        camera.wait_for_event(5)


def next_file(camera):
    give_up = time.monotonic() + PATIENCE_S
    while time.monotonic() < give_up:
        kind, data = camera.wait_for_event(5)
        if kind == gp.GP_EVENT_FILE_ADDED:
            return data.folder, data.name
    raise TimeoutError("no picture was announced")


def drain(camera, seconds):
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        camera.wait_for_event(5)


def main():
    camera = gp.Camera()
    camera.init()
    wanted = settings_of(sys.argv[1])
    listed = [entry[0] for entry in camera.list_config()]
    unlisted = [name for name in wanted if name not in listed]
    if unlisted:
        raise LookupError("not on the body's list: " + ", ".join(unlisted))
    for name, value in wanted.items():
        apply(camera, name, value)
    for _ in range(2):
        trigger_when_free(camera)
        folder, name = next_file(camera)
        print(folder + "/" + name)
        if sys.argv[1] == "fuji":
            camera.file_delete(folder, name)
        drain(camera, 1 if sys.argv[1] == "sony" else 0)  # too early a release it doesn't even refuse
    camera.exit()


main()
