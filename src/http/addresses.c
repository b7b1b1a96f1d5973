#include "http/addresses.h"

#include <arpa/inet.h>
#include <errno.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <unistd.h>

enum { BACKLOG = 128 };

static enum status cannot_listen(int fd, int port, struct message *message)
{
    int fault = errno;
    if (fd >= 0)
        close(fd);
    status_fail(message, STATUS_UNREADABLE, "port %d cannot be listened on: %s", port, strerror(fault));
    if (fault == EADDRINUSE)
        return status_remedy(message, "another program has it: give another --port, or none, which takes a free one");
    if (fault == EACCES)
        return status_remedy(message, "ports below 1024 are the administrator's: give another --port");
    return STATUS_UNREADABLE;
}

enum status address_listen(bool everywhere, int port, int *ret_fd, int *ret_port, struct message *message)
{
    struct sockaddr_in place = {.sin_family = AF_INET, .sin_port = htons((uint16_t)port)};
    socklen_t size = sizeof place;
    int yes = 1, fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    place.sin_addr.s_addr = htonl(everywhere ? INADDR_ANY : INADDR_LOOPBACK);
    /* A port whose last connections linger may be taken again at once. */
    if (fd < 0 || setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes) != 0 ||
        bind(fd, (struct sockaddr *)&place, sizeof place) != 0 || listen(fd, BACKLOG) != 0 ||
        getsockname(fd, (struct sockaddr *)&place, &size) != 0)
        return cannot_listen(fd, port, message);
    *ret_fd = fd;
    *ret_port = ntohs(place.sin_port);
    return STATUS_OK;
}

void address_print(const struct sockaddr *address, char ret_text[static ADDRESS])
{
    struct sockaddr_in place = {0};
    ret_text[0] = '\0';
    if (address == NULL || address->sa_family != AF_INET)
        return;
    memcpy(&place, address, sizeof place);
    if (inet_ntop(AF_INET, &place.sin_addr, ret_text, ADDRESS) == NULL)
        ret_text[0] = '\0';
}

bool address_is_loopback(const struct sockaddr *address)
{
    struct sockaddr_in place = {0};
    if (address == NULL || address->sa_family != AF_INET)
        return false;
    memcpy(&place, address, sizeof place);
    return ntohl(place.sin_addr.s_addr) >> 24 == IN_LOOPBACKNET; /* 127.0.0.0/8, RFC 1122 3.2.1.3 */
}

bool address_own(int fd, char ret_text[static ADDRESS])
{
    struct sockaddr_storage place = {0};
    socklen_t size = sizeof place;
    ret_text[0] = '\0';
    if (getsockname(fd, (struct sockaddr *)&place, &size) != 0)
        return false;
    address_print((struct sockaddr *)&place, ret_text);
    return address_is_loopback((struct sockaddr *)&place);
}

/* Connecting a datagram socket sends nothing: it only asks for the way. 192.0.2.0/24 belongs to nobody (RFC 5737). */
static void way_out(char ret_text[static ADDRESS])
{
    struct sockaddr_in far = {.sin_family = AF_INET, .sin_port = htons(9)};
    int fd = socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    ret_text[0] = '\0';
    if (fd < 0)
        return;
    if (inet_pton(AF_INET, "192.0.2.1", &far.sin_addr) == 1 && connect(fd, (struct sockaddr *)&far, sizeof far) == 0)
        address_own(fd, ret_text);
    close(fd);
}

size_t address_list(char (*ret_addresses)[ADDRESS], size_t room)
{
    struct ifaddrs *all = NULL;
    char first[ADDRESS];
    size_t count = 0;
    way_out(first);
    if (getifaddrs(&all) != 0)
        return 0;
    for (const struct ifaddrs *one = all; one != NULL && count < room; one = one->ifa_next) {
        char text[ADDRESS];
        address_print(one->ifa_addr, text);
        if (text[0] == '\0' || address_is_loopback(one->ifa_addr) || (one->ifa_flags & IFF_UP) == 0)
            continue;
        bool best = strcmp(text, first) == 0 && count > 0;
        if (best)
            memcpy(ret_addresses[count], ret_addresses[0], ADDRESS);
        memcpy(ret_addresses[best ? 0 : count], text, ADDRESS);
        count++;
    }
    freeifaddrs(all);
    return count;
}
