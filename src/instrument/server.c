#include "instrument/server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

enum status server_listen(int port, int *ret_fd, int *ret_port, struct message *message)
{
    static const int yes = 1;
    struct sockaddr_in here = {
        .sin_family = AF_INET, .sin_port = htons((uint16_t)port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof here;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (fd >= 0)
        setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
    if (fd < 0 || bind(fd, (struct sockaddr *)&here, sizeof here) != 0 || listen(fd, 8) != 0 ||
        getsockname(fd, (struct sockaddr *)&here, &size) != 0) {
        status_fail(message, STATUS_UNREADABLE, "cannot listen on port %d: %s", port, strerror(errno));
        if (fd >= 0)
            close(fd);
        return status_remedy(message, "choose another port, or 0 for a free one");
    }
    *ret_fd = fd;
    *ret_port = ntohs(here.sin_port);
    return STATUS_OK;
}

void server_stop(struct server *server)
{
    if (server != NULL)
        server->stop(server);
}
