// The part of libgphoto2's port driver interface (library 0.12) that its installed headers leave out: what a
// driver exports, and what it calls back.
#pragma once

#include <gphoto2/gphoto2-port-info-list.h>
#include <gphoto2/gphoto2-port.h>

extern "C" {

/// In this order and all of them, or the library calls the wrong one.
struct GPPortOperations {
  int (*init)(GPPort*);
  int (*exit)(GPPort*);
  int (*open)(GPPort*);
  int (*close)(GPPort*);
  int (*read)(GPPort*, char*, int);
  int (*check_int)(GPPort*, char*, int, int);
  int (*write)(GPPort*, const char*, int);
  int (*update)(GPPort*);
  int (*get_pin)(GPPort*, GPPin, GPLevel*);
  int (*set_pin)(GPPort*, GPPin, GPLevel);
  int (*send_break)(GPPort*, int);
  int (*flush)(GPPort*, int);
  int (*find_device)(GPPort*, int, int);
  int (*find_device_by_class)(GPPort*, int, int, int);
  int (*clear_halt)(GPPort*, int);
  int (*msg_write)(GPPort*, int, int, int, char*, int);
  int (*msg_read)(GPPort*, int, int, int, char*, int);
  int (*msg_interface_write)(GPPort*, int, int, int, char*, int);
  int (*msg_interface_read)(GPPort*, int, int, int, char*, int);
  int (*msg_class_write)(GPPort*, int, int, int, char*, int);
  int (*msg_class_read)(GPPort*, int, int, int, char*, int);
  int (*seek)(GPPort*, int, int);
  int (*send_scsi_cmd)(GPPort*, int, char*, int, char*, int, char*, int);
  int (*reset)(GPPort*);
};

int gp_port_info_new(GPPortInfo* info);
int gp_port_info_set_type(GPPortInfo info, GPPortType type);
int gp_port_info_set_name(GPPortInfo info, const char* name);
int gp_port_info_set_path(GPPortInfo info, const char* path);

__attribute__((visibility("default"))) GPPortType gp_port_library_type(void);
__attribute__((visibility("default"))) int gp_port_library_list(GPPortInfoList* list);
__attribute__((visibility("default"))) GPPortOperations* gp_port_library_operations(void);
}
