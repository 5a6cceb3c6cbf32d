#!/usr/bin/env bash
# Builds upstream's virtual camera, a body that isn't ours, from Debian's source package of the camera library: as a
# driver of the generic kind and of a named model, in FOLDER/generic and FOLDER/named. Nothing of it is kept in the
# checkout. NOONFALL_LIBGPHOTO2_SOURCE may name an unpacked source tree; else it is fetched, with package lists of its
# own, so that no root is needed and the system's aren't touched.
set -euo pipefail
folder=$(mkdir -p "${1:?usage: upstream_body.sh FOLDER}" && cd "$1" && pwd)
if [[ -e $folder/generic/vusb.so && -e $folder/named/vusb.so ]]; then exit 0; fi

source_tree() {
  if [[ -n ${NOONFALL_LIBGPHOTO2_SOURCE-} ]]; then
    echo "$NOONFALL_LIBGPHOTO2_SOURCE"
    return
  fi
  local release apt=$folder/apt
  release=$(. /etc/os-release && echo "$VERSION_CODENAME")
  mkdir -p "$apt"/{lists,cache}/partial
  echo "deb-src http://deb.debian.org/debian $release main" >"$apt/sources.list"
  local -a options=(-o "Dir::Etc::sourcelist=$apt/sources.list" -o Dir::Etc::sourceparts=/dev/null
    -o "Dir::State::lists=$apt/lists" -o "Dir::Cache=$apt/cache" -o APT::Sandbox::User= -o Acquire::http::Timeout=20)
  (cd "$folder" && apt-get "${options[@]}" update && apt-get "${options[@]}" source libgphoto2) >"$folder/log" 2>&1
  find "$folder" -maxdepth 1 -type d -name 'libgphoto2-*'
}

tree=$(source_tree) || { echo "no source package of libgphoto2 to be had (its log: $folder/log)" >&2; exit 1; }
port=$tree/libgphoto2_port
mkdir -p "$folder"/{pictures/DCIM,build/libgphoto2_port}
echo 'a picture to be copied' >"$folder/pictures/DCIM/A.jpg"
cp "$port/libgphoto2_port/i18n.h" "$folder/build/libgphoto2_port/"
printf '#define HAVE_LIMITS_H 1\n' >"$folder/build/config.h"
# It either plays a recording or is found on the bus (FUZZ_PTP), and is one model: both are written into its source.
for file in vusb.c vcamera.c vcamera.h; do
  sed -e 's/#undef FUZZ_PTP/#define FUZZ_PTP 1/' -e 's/vcamera_new(NIKON_D750)/vcamera_new(VCAMERA_TYPE)/' \
    -e 's/idvendor == 0x04b0/idvendor == VCAMERA_VENDOR/' "$port/vusb/$file" >"$folder/build/$file"
done
for kind in 'generic GENERIC_PTP 0xFFFF' 'named NIKON_D750 0x04b0'; do
  read -r name type vendor <<<"$kind"
  mkdir -p "$folder/$name"
  cc -shared -fPIC -O1 -w -D_GPHOTO2_INTERNAL_CODE -I"$folder/build" -I"$port" -DVCAMERA_TYPE="$type" \
    -DVCAMERA_VENDOR="$vendor" -DVCAMERADIR="\"$folder/pictures\"" "$folder"/build/*.c -o "$folder/$name/vusb.so" -lgphoto2_port
done
