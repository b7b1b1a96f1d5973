#include "web/areas.h"

const struct http_route shelf_routes[] = {
    {0},
};
