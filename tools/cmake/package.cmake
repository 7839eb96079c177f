# What is installed, and the Debian package: `cmake --build DIR && cpack --config DIR/CPackConfig.cmake`.
include(GNUInstallDirs)
set(PACKAGE ${CMAKE_SOURCE_DIR}/tools/package)
install(TARGETS halfturn halfturn-practice halfturn-paper RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})

# Manual pages come from --help, so they need the built programs; a build of the target halfturn alone leaves them out.
set(MAN_PAGES ${CMAKE_BINARY_DIR}/man)
add_custom_command(OUTPUT ${MAN_PAGES}/halfturn.1 ${MAN_PAGES}/halfturn-practice.1 ${MAN_PAGES}/halfturn-paper.1
  COMMAND ${PACKAGE}/man_pages $<TARGET_FILE:halfturn> ${MAN_PAGES}
  COMMAND ${PACKAGE}/man_pages $<TARGET_FILE:halfturn-practice> ${MAN_PAGES}
  COMMAND ${PACKAGE}/man_pages $<TARGET_FILE:halfturn-paper> ${MAN_PAGES}
  DEPENDS halfturn halfturn-practice halfturn-paper ${PACKAGE}/man_pages VERBATIM)
add_custom_target(man_pages ALL DEPENDS
  ${MAN_PAGES}/halfturn.1 ${MAN_PAGES}/halfturn-practice.1 ${MAN_PAGES}/halfturn-paper.1)
install(DIRECTORY ${MAN_PAGES}/ DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 FILES_MATCHING PATTERN "*.1")

install(FILES ${PACKAGE}/halfturn.bash DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions RENAME halfturn)
install(FILES ${CMAKE_SOURCE_DIR}/README.md ${PACKAGE}/copyright ${PACKAGE}/changelog DESTINATION ${CMAKE_INSTALL_DOCDIR})
# Debian wants manual pages and change logs compressed, and without a time in them.
install(CODE "file(GLOB COMPRESSED \"\$ENV{DESTDIR}\${CMAKE_INSTALL_PREFIX}/${CMAKE_INSTALL_MANDIR}/man1/halfturn*.1\"
  \"\$ENV{DESTDIR}\${CMAKE_INSTALL_PREFIX}/${CMAKE_INSTALL_DOCDIR}/changelog\")
execute_process(COMMAND gzip -9nf \${COMPRESSED} COMMAND_ERROR_IS_FATAL ANY)")
install(FILES ${PACKAGE}/70-halfturn.rules DESTINATION lib/udev/rules.d)
if(EXISTS ${CMAKE_SOURCE_DIR}/src/command/commands/serve.cpp)
  install(FILES ${PACKAGE}/halfturn.service DESTINATION lib/systemd/system)
  install(FILES ${PACKAGE}/halfturn.sysusers DESTINATION lib/sysusers.d RENAME halfturn.conf)
endif()

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME halfturn)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
# A role without an address: there is none to write to, and one that is made up would be worse.
set(CPACK_PACKAGE_CONTACT "halfturn developers")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "Watches a hand-turned bearing press and keeps the proof")
set(CPACK_PACKAGE_DESCRIPTION "It reads a caliper and a load cell while small pressed-in bearings are
pulled out or pushed in by hand, compares turns and force with what the fit
should give, warns in time, and keeps the record. It never moves anything.")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
# The second is what makes the service's user.
set(CPACK_DEBIAN_PACKAGE_DEPENDS "fonts-liberation, systemd | systemd-standalone-sysusers | systemd-sysusers")
set(CPACK_DEBIAN_PACKAGE_CONTROL_EXTRA ${PACKAGE}/postinst ${PACKAGE}/prerm ${PACKAGE}/postrm)
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
include(CPack)
