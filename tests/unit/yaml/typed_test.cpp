#include "lib/yaml/typed.h"
#include "lib/yaml/map_reader.h"
