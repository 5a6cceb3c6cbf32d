// The codes of ISO 15740 that our bodies use; those of a vendor stand with the family that uses them.
#pragma once

#include <cstdint>

namespace noonfall::wire {

namespace operation {
enum : std::uint16_t {
  get_device_info = 0x1001,
  open_session = 0x1002,
  close_session = 0x1003,
  get_storage_ids = 0x1004,
  get_storage_info = 0x1005,
  get_num_objects = 0x1006,
  get_object_handles = 0x1007,
  get_object_info = 0x1008,
  get_object = 0x1009,
  get_thumb = 0x100A,
  delete_object = 0x100B,
  initiate_capture = 0x100E,
  get_device_prop_desc = 0x1014,
  get_device_prop_value = 0x1015,
  set_device_prop_value = 0x1016,
  get_partial_object = 0x101B,
};
}

namespace response {
enum : std::uint16_t {
  ok = 0x2001,
  general_error = 0x2002,
  session_not_open = 0x2003,
  operation_not_supported = 0x2005,
  parameter_not_supported = 0x2006,
  invalid_storage_id = 0x2008,
  invalid_object_handle = 0x2009,
  device_prop_not_supported = 0x200A,
  store_full = 0x200C,
  access_denied = 0x200F,
  no_thumbnail_present = 0x2010,
  device_busy = 0x2019,
  invalid_device_prop_format = 0x201B,
  invalid_device_prop_value = 0x201C,
  session_already_open = 0x201E,
};
}

namespace event {
enum : std::uint16_t {
  object_added = 0x4002,
  device_prop_changed = 0x4006,
  store_full = 0x400A,
  capture_complete = 0x400D,
};
}

namespace property {
enum : std::uint16_t {
  battery_level = 0x5001,
  compression_setting = 0x5004,
  f_number = 0x5007,
  focus_mode = 0x500A,
  exposure_time = 0x500D,
  exposure_program_mode = 0x500E,
  exposure_index = 0x500F,
  exposure_bias_compensation = 0x5010,
  date_time = 0x5011,
  still_capture_mode = 0x5013,
  burst_number = 0x5018,
};
}

namespace format {
enum : std::uint16_t { undefined = 0x3000, association = 0x3001, exif_jpeg = 0x3801, jfif = 0x3808 };
}

inline constexpr std::uint32_t card_storage = 0x00010001;
inline constexpr std::uint32_t second_storage = 0x00020001;
inline constexpr std::uint32_t every = 0xFFFFFFFF;  // of stores, of formats; as a parent: the root

}  // namespace noonfall::wire
