#include "web/areas.h"

const struct http_route rig_routes[] = {
    {0},
};
