// A port driver that puts simulated bodies on libgphoto2's USB. It keeps nothing between ports: the library
// unloads it whenever none is open.
#include <array>
#include <cstdio>
#include <cstring>
#include <optional>

#include <gphoto2/gphoto2-port-result.h>

#include "sim/wire/port_driver/body_line.h"
#include "sim/wire/port_driver/port_library.h"

using noonfall::wire::BodyLine;
using noonfall::wire::BusPlace;
using noonfall::wire::LineRequest;
using Verb = LineRequest::Verb;

/// What hangs on one port: the line to its body, looked up once by the port's path.
struct _GPPortPrivateLibrary {
  std::optional<BodyLine> line;
  BusPlace place;
};

namespace {

namespace wire = noonfall::wire;

using Path = std::array<char, 64>;

Path path_of(const BusPlace& place) {
  Path path{};
  std::snprintf(path.data(), path.size(), "usb:%03u,%03u", unsigned{place.bus}, unsigned{place.address});
  return path;
}

/// The port's body; null while none is on the bus at its path.
_GPPortPrivateLibrary* body_at(GPPort* port) {
  auto* body = port->pl;
  if (body->line) return body;
  for (const auto& socket : wire::body_sockets()) {
    BodyLine line{socket};
    const auto place = line.place();
    if (!place || std::strcmp(path_of(*place).data(), port->settings.usb.port) != 0) continue;
    body->line.emplace(std::move(line));
    body->place = *place;
    return body;
  }
  return nullptr;
}

std::uint32_t patience_ms(int timeout) {
  return timeout > 0 ? static_cast<std::uint32_t>(timeout) : 0;
}

int init(GPPort* port) {
  port->pl = new _GPPortPrivateLibrary;
  return GP_OK;
}

int exit_port(GPPort* port) {
  delete port->pl;
  port->pl = nullptr;
  return GP_OK;
}

int open(GPPort* port) {
  auto* body = body_at(port);
  if (body == nullptr) return GP_ERROR_IO_USB_FIND;
  return body->line->ask({Verb::open, body->place.address}).result;
}

int close(GPPort* port) {
  if (port->pl == nullptr || !port->pl->line) return GP_OK;
  (void)port->pl->line->ask({Verb::close});
  port->pl->line.reset();
  return GP_OK;
}

/// Copies what came; the number of bytes, or what went wrong.
int received(const wire::LineAnswer& answer, char* data, int size) {
  if (answer.result != wire::port::ok) return answer.result;
  const auto count = std::min(answer.bytes.size(), static_cast<std::size_t>(size));
  std::memcpy(data, answer.bytes.data(), count);
  return static_cast<int>(count);
}

int read(GPPort* port, char* data, int size) {
  auto* body = body_at(port);
  if (body == nullptr) return GP_ERROR_IO_USB_FIND;
  const auto most = std::min(static_cast<std::size_t>(std::max(0, size)), wire::most_in_datagram);
  return received(body->line->ask({Verb::read, static_cast<std::uint32_t>(most), patience_ms(port->timeout)}),
                  data, size);
}

int check_interrupt(GPPort* port, char* data, int size, int timeout) {
  auto* body = body_at(port);
  if (body == nullptr) return GP_ERROR_IO_USB_FIND;
  return received(body->line->ask({Verb::interrupt, 0, patience_ms(timeout)}), data, size);
}

int write(GPPort* port, const char* data, int size) {
  auto* body = body_at(port);
  if (body == nullptr) return GP_ERROR_IO_USB_FIND;
  const auto* bytes = reinterpret_cast<const std::uint8_t*>(data);
  const auto answer =
      body->line->ask({Verb::write, 0, patience_ms(port->timeout), wire::Bytes(bytes, bytes + size)});
  return answer.result == wire::port::ok ? size : answer.result;
}

int update(GPPort* port) {
  port->settings = port->settings_pending;
  return GP_OK;
}

int found(GPPort* port) {
  auto& usb = port->settings.usb;
  usb.config = 1;
  usb.interface = 0;
  usb.altsetting = 0;
  usb.inep = 0x81;
  usb.outep = 0x02;
  usb.intep = 0x83;
  usb.maxpacketsize = 512;
  return GP_OK;
}

int find_device(GPPort* port, int vendor, int product) {
  const auto* body = body_at(port);
  if (body == nullptr) return GP_ERROR_IO_USB_FIND;
  const bool is_it = body->place.vendor == vendor && body->place.product == product;
  return is_it ? found(port) : GP_ERROR_IO_USB_FIND;
}

int find_device_by_class(GPPort* port, int main_class, int subclass, int protocol) {
  const bool still_image = main_class == 6 && subclass == 1 && protocol == 1;
  return still_image && body_at(port) != nullptr ? found(port) : GP_ERROR_IO_USB_FIND;
}

int reset_class(GPPort* port, int request, int /*value*/, int /*index*/, char* /*bytes*/, int /*size*/) {
  constexpr int device_reset = 0x66;
  constexpr int cancel = 0x64;
  auto* body = body_at(port);
  if (body == nullptr) return GP_ERROR_IO_USB_FIND;
  if (request != device_reset && request != cancel) return GP_OK;
  return body->line->ask({Verb::reset}).result;
}

int class_status(GPPort* /*port*/, int /*request*/, int /*value*/, int /*index*/, char* /*bytes*/,
                 int /*size*/) {
  return GP_OK;
}

int clear_halt(GPPort* /*port*/, int /*endpoint*/) {
  return GP_OK;
}

int reset_port(GPPort* port) {
  auto* body = body_at(port);
  return body == nullptr ? GP_ERROR_IO_USB_FIND : body->line->ask({Verb::reset}).result;
}

void append(GPPortInfoList* list, const char* name, const char* path) {
  GPPortInfo info = nullptr;
  if (gp_port_info_new(&info) < 0) return;
  gp_port_info_set_type(info, GP_PORT_USB);
  gp_port_info_set_name(info, name);
  gp_port_info_set_path(info, path);
  (void)gp_port_info_list_append(list, info);  // -1 for a first entry without a name, though it is appended
}

}  // namespace

GPPortType gp_port_library_type(void) {
  return GP_PORT_USB;
}

int gp_port_library_list(GPPortInfoList* list) {
  append(list, "", "^usb:");  // how the library knows a USB path that isn't in the list
  for (const auto& socket : wire::body_sockets()) {
    if (const auto place = BodyLine{socket}.place()) append(list, "Simulated body", path_of(*place).data());
  }
  return GP_OK;
}

GPPortOperations* gp_port_library_operations(void) {
  auto* operations =
      static_cast<GPPortOperations*>(std::calloc(1, sizeof(GPPortOperations)));  // it calls free()
  if (operations == nullptr) return nullptr;
  operations->init = init;
  operations->exit = exit_port;
  operations->open = open;
  operations->close = close;
  operations->read = read;
  operations->check_int = check_interrupt;
  operations->write = write;
  operations->update = update;
  operations->find_device = find_device;
  operations->find_device_by_class = find_device_by_class;
  operations->clear_halt = clear_halt;
  operations->msg_class_write = reset_class;
  operations->msg_class_read = class_status;
  operations->reset = reset_port;
  return operations;
}
