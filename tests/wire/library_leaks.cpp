// What the camera library itself leaks, told to LeakSanitizer: some hundred bytes a session in its drivers,
// which are unloaded by the time leaks are looked for. Our own driver in that place keeps nothing between
// ports.
extern "C" const char* __lsan_default_suppressions();

extern "C" const char* __lsan_default_suppressions() {
  return "leak:ptp2.so\nleak:<unknown module>\n";
}
