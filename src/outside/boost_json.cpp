// Boost.JSON, compiled once for the whole project.
#include <boost/json/src.hpp>
