#include "web/areas.h"

const struct http_route door_routes[] = {
    {0},
};
