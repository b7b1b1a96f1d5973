#include "web/areas.h"

const struct http_route publish_routes[] = {
    {0},
};
